from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from app.reporting.wish import PAPER_NAMES, Audience, Wish
from core.painting_report.card import Edition
from core.painting_report.parts import FOR_BUYER, FOR_STUDENT, Part
from core.size import PAPERS

WISHES = st.builds(
    Wish,
    audience=st.sampled_from(Audience),
    own=st.sets(st.sampled_from(Part)).map(lambda chosen: tuple(part for part in Part if part in chosen)),
    paper=st.sampled_from(PAPER_NAMES),
    by=st.text(max_size=20),
    final=st.none() | st.integers(1, 99),
    by_card=st.booleans(),
    edition=st.none() | st.sampled_from(Edition),
)


@given(WISHES)
@settings(max_examples=40, deadline=None)
def test_what_is_kept_is_read_back(wish: Wish) -> None:
    assert Wish.from_json(wish.to_json()) == wish


@pytest.mark.parametrize("data", [None, [], "A4", {"paper": "A0", "final": "3", "by": 3, "own": "cover", "edition": 9}])
def test_what_cannot_be_read_is_as_at_first(data: Any) -> None:
    assert Wish.from_json(data) == Wish()


def test_one_spoilt_part_leaves_the_others() -> None:
    wish = Wish.from_json(Wish(paper="Letter", by="Maria").to_json() | {"by_card": "yes"})
    assert (wish.paper, wish.by, wish.by_card) == ("Letter", "Maria", True)


def test_whom_it_is_for_settles_what_goes_in() -> None:
    own = (Part.FINAL,)
    assert Wish(Audience.BUYER, own).parts == FOR_BUYER
    assert Wish(Audience.STUDENT, own).parts == FOR_STUDENT
    assert Wish(Audience.OWN, own).parts == own
    assert Wish(Audience.OWN, own, "Letter").choice.paper == PAPERS["Letter"]
