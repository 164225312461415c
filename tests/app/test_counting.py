"""What counts most in the list to mend, set in its panel."""

from app.findings import read_findings, stored
from core.mend_weights import MEND_WEIGHTS, USUAL_WEIGHTS, MendWeights
from tests.app.test_questions import CHECK, SIZE, SURE, checked, easel  # noqa: F401
from tests.app.window_case import Easel


def said(easel: Easel) -> list[str]:  # noqa: F811
    return [line.kind for line in easel.desk.side.mend.lines.lines]


def test_the_list_follows_what_counts_and_can_be_undone(checked: Easel) -> None:  # noqa: F811
    mend = checked.desk.side.mend
    assert said(checked) == ["drawing", "value"]
    mend.counting.steppers["value"].more.click()
    mend.counting.steppers["value"].more.click()
    assert said(checked) == ["value", "drawing"]
    assert [line.number for line in mend.lines.lines] == [1, 2]
    assert checked.desk.studio.checked.findings.is_current
    checked.press("undo")
    checked.press("undo")
    assert said(checked) == ["drawing", "value"]


def test_as_usual_takes_every_weight_back(checked: Easel) -> None:  # noqa: F811
    counting = checked.desk.side.mend.counting
    assert not counting.usual.isEnabled()
    counting.steppers["drawing"].less.click()
    counting.steppers["temperature"].more.click()
    assert counting.weights == MendWeights(drawing=1.0, temperature=1.0)
    counting.usual.click()
    assert counting.weights == USUAL_WEIGHTS


def test_the_next_check_is_made_with_them(checked: Easel) -> None:  # noqa: F811
    studio = checked.desk.studio
    studio.painting.set_plan(MEND_WEIGHTS, MendWeights(value=4.0).to_json(), label="weighed")
    order = studio.checker.order(studio.canvas_photo.id)
    assert order is not None
    assert order.weights == MendWeights(value=4.0)


def test_a_list_made_with_other_weights_comes_out_the_same() -> None:
    doubled = [line | {"weight": 2 * line["weight"]} for line in CHECK["mend"]]
    twice = read_findings(stored(CHECK | {"mend": doubled}, SURE, [], weights=MendWeights(4.0, 2.0, 1.0, 1.0)), SIZE)
    usual = read_findings(stored(CHECK, SURE, []), SIZE)
    assert twice is not None
    assert usual is not None
    assert twice.mend == usual.mend
