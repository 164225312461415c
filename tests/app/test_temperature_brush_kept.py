"""How what was brushed into the light or the shadow is kept, and found away from the window."""

import json
from pathlib import Path

import pytest
from pytestqt.qtbot import QtBot

from app.temperatures.kept import Brushwork, kept_brushwork
from app.view import Subject
from app.work import Worker
from core.painting import Painting
from core.temperature.strokes import Family, FamilyStroke
from tests.app.test_temperature_brush import ACROSS, brush, families, fold, halves, partings, strokes
from tests.app.warmth_case import panel, warm_easel
from tests.app.window_case import Easel


@pytest.fixture
def easel(qtbot: QtBot, worker: Worker, tmp_path: Path) -> Easel:
    made = warm_easel(qtbot, worker, tmp_path, reference=halves(), canvas=halves())
    panel(made).families.open()
    return made


def test_it_is_kept_with_the_painting(easel: Easel) -> None:
    brush(easel, Family.LIGHT, *ACROSS)
    brush(easel, Family.AS_FOUND, (100.0, 112.0), (120.0, 112.0))
    kept, told = strokes(easel), families(easel)
    folder = easel.desk.studio.painting.folder
    easel.press("close")
    with Painting.open(folder) as again:
        assert kept_brushwork(again).strokes == kept
    easel.window.open_painting(folder)
    assert strokes(easel) == kept
    assert families(easel).difference == pytest.approx(told.difference)


def test_a_painting_open_only_to_look_says_so(easel: Easel) -> None:
    folder = easel.desk.studio.painting.folder
    easel.press("close")
    easel.window.open_painting(folder, look_only=True)
    fold(easel).brush.brush.click()
    assert "open only to look" in easel.said
    assert not fold(easel).brush.brush.isChecked()


def test_strokes_are_read_forgivingly_and_told_apart_by_what_they_are() -> None:
    stroke = FamilyStroke(((1.0, 2.0), (3.5, 4.0)), 8.0, Family.SHADOW)
    kept = json.loads(json.dumps(Brushwork((stroke,)).to_json()))
    assert Brushwork.from_json(kept) == Brushwork((stroke,))
    assert hash(Brushwork.from_json(kept)) == hash(Brushwork((stroke,)))
    broken = ["x", ["light", 8], ["dusk", 8, [[1, 2]]], ["light", 0, [[1, 2]]], ["light", 8, []], *kept]
    assert Brushwork.from_json(broken) == Brushwork((stroke,))
    for nothing in (None, "x", {"a": 1}, []):
        assert Brushwork.from_json(nothing) == Brushwork()


def test_the_outline_stays_until_the_new_one_is_there(qtbot: QtBot, threaded_worker: Worker, tmp_path: Path) -> None:
    easel = warm_easel(qtbot, threaded_worker, tmp_path, reference=halves(), canvas=halves())
    panel(easel).families.open()
    reads = easel.desk.studio.warmths
    panel(easel).families.outline.click()
    qtbot.waitUntil(lambda: partings(easel) == 1, timeout=15_000)
    before = reads.families(Subject.REFERENCE)
    brush(easel, Family.LIGHT, *ACROSS)
    assert reads.families(Subject.REFERENCE) is None
    assert reads.newest_families(Subject.REFERENCE) is before
    assert partings(easel) == 1
    qtbot.waitUntil(lambda: partings(easel) == 2, timeout=15_000)
    assert families(easel).light_share > 0.56
    assert "1 stroke" in panel(easel).families.brush.says.text()
    qtbot.waitUntil(lambda: not threaded_worker.is_busy(), timeout=15_000)
    easel.window.close()
