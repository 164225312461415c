"""The sittings of the demo painting: a plan of four, the first two painted, with touch tests of both."""

from datetime import datetime, timedelta

from core.painting import Painting
from core.sitting.coat import Coat, SittingTube
from core.sitting.drying_record import SITTING_DRYING, DryingRecord
from core.sitting.layer import Ground, Medium, Room, Thickness
from core.sitting.log import SITTING_LOG, LoggedSitting, SittingLog, ToMend
from core.sitting.plan import SITTING_PLAN, SittingPlan
from core.sitting.timer import Timer
from core.sitting.touch_tests import Touch, TouchTest
from core.store.ledge import moment

_WHITE, _OCHRE = SittingTube("titanium white", ("PW6",)), SittingTube("yellow ochre", ("PY43",))
_BLACK, _UMBER = SittingTube("ivory black", ("PBk9",)), SittingTube("burnt umber", ("PBr7",))
_ULTRAMARINE = SittingTube("ultramarine", ("PB29",))
_DARKS = Coat(Medium.SOLVENT, Thickness.THIN, (_UMBER, _ULTRAMARINE))
_LIGHTS = Coat(Medium.STRAIGHT, Thickness.THIN, (_WHITE, _OCHRE, _UMBER, _ULTRAMARINE))
_FORMS = Coat(Medium.LITTLE_OIL, Thickness.USUAL, (_WHITE, _OCHRE, _BLACK, _ULTRAMARINE))
_FIRST_DAYS_BEFORE, _SECOND_DAYS_BEFORE = 9, 3
"""Before the last photo of the canvas was taken."""


def keep_sittings(painting: Painting) -> None:
    """Give a painting with the demo's three canvas photos its plan and its log, as one step."""
    first_photo, second_photo, third_photo = painting.canvas_photos()
    last = moment(third_photo).replace(hour=10, minute=0, second=0, microsecond=0).astimezone()
    first, second = last - timedelta(days=_FIRST_DAYS_BEFORE), last - timedelta(days=_SECOND_DAYS_BEFORE)
    plan = (
        SittingPlan((), 1)
        .added(aim="The wall and the jug’s shadow side, thin and quick", coat=_DARKS, minutes=60)
        .added(aim="Lights against darks: jug, quinces and linen, the canvas covered", coat=_LIGHTS, minutes=90)
        .added(aim="Form by form: the jug, then the quinces, then the folds of the linen", coat=_FORMS, minutes=240)
        .added(aim="The blue rim, the window in the glaze, the stripes of the linen", coat=_FORMS, minutes=60)
    )
    log = SittingLog(
        (
            LoggedSitting(
                1,
                _DARKS,
                first.date(),
                "The dark wall and the shadows of jug and quinces, wiped lighter where the linen is.",
                _painted(first, 70),
                None,
                first_photo.id,
                "The jug’s handle was too thin: drawn again with the brush.",
            ),
            LoggedSitting(
                2,
                _LIGHTS,
                second.date(),
                "The enamel in three values, the quinces, and the linen with its stripes.",
                _painted(second, 105),
                first_photo.id,
                second_photo.id,
                "The right quince stands warmer than in the reference.",
                (ToMend("The linen in front of the jug is too light."), ToMend("The jug’s lip is too wide.", True)),
            ),
        )
    )
    drying = (
        DryingRecord(Room(19.0, 50.0), Ground.ACRYLIC)
        .with_test("1", TouchTest(first + timedelta(days=2), Touch.TACKY))
        .with_test("1", TouchTest(second, Touch.DRY))
        .with_test("2", TouchTest(second + timedelta(days=2), Touch.TACKY))
    )
    with painting.step("planned the sittings"):
        painting.set_plan(SITTING_PLAN, plan.to_json())
        painting.set_plan(SITTING_LOG, log.to_json())
        painting.set_plan(SITTING_DRYING, drying.to_json())


def _painted(began: datetime, minutes: int) -> Timer:
    return Timer().started(began).stopped(began + timedelta(minutes=minutes))
