"""The demo painting has a plan and two sittings in its log, so that the panel is not empty."""

from pathlib import Path

from app.sittings.forecast import forecast
from app.sittings.kept import documents, read_kept
from core.demo import make_demo_painting
from core.sitting.next_sitting import DayState
from core.store.ledge import moment


def test_the_demo_is_planned_and_two_sittings_are_painted(tmp_path: Path) -> None:
    with make_demo_painting(tmp_path / "demo") as painting:
        kept = read_kept(documents(painting))
        photos = {photo.id: photo for photo in painting.canvas_photos()}
        assert painting.can_undo == "added a blank"
    assert kept.told == ()
    assert kept.plan is not None
    assert len(kept.plan.sittings) == 4
    first, second = kept.log.entries
    assert first.begun
    assert first.timer.length() < second.timer.length()
    assert (photos[first.after].name, photos[second.after].name) == ("Sitting 1", "Sitting 2")
    last = moment(photos[3]).astimezone()
    assert first.day < second.day < last.date()
    layers = forecast(kept.plan, kept.log, kept.drying, last).layers
    assert layers[0].dry.found  # before the second was painted on it
    assert layers[0].drying.at(1.0) <= second.timer.first
    assert layers[1].standing(last).state is DayState.PERHAPS
