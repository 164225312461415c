"""The keys at arm's length: usual ones, those that the painter gives, and what was kept badly."""

from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PySide6.QtCore import Qt

from app.arms.keys import BY_NAME, CLOSE, DOINGS, GIVEN, MOST_KEYS, Keys, refused, shown_key
from app.keys import all_keys

Key = Qt.Key
USUAL = Keys.usual()
_ANY = [int(key) for doing in DOINGS for key in doing.keys] + [
    int(Key.Key_MediaNext),
    int(Key.Key_F9),
    int(Key.Key_Tab),
]


def test_no_key_has_two_doings_and_presenters_and_pedals_have_theirs() -> None:
    keys = [int(key) for doing in DOINGS for key in doing.keys]
    assert len(set(keys)) == len(keys)
    sent = {
        Key.Key_PageUp: "before", Key.Key_PageDown: "next", Key.Key_Left: "before", Key.Key_Right: "next",
        Key.Key_Up: "older", Key.Key_Down: "newer", Key.Key_B: "blink", Key.Key_Period: "blink", Key.Key_F5: "closer",
        Key.Key_Space: "blink", Key.Key_Return: "closer", Key.Key_Enter: "closer", Key.Key_Escape: "close",
    }  # fmt: skip
    assert {key: USUAL.doing(key) for key in sent} == sent


def test_what_can_be_done_on_the_desk_too_has_the_same_letter() -> None:
    desk = {each.name: each.show for each in all_keys()} | {"blink": "B", "next": "N", "lift": "A"}
    for name in ("grey", "steps", "squint", "acetate", "one", "two", "three", "check", "blink", "next", "lift"):
        assert desk[name] in USUAL.shown(name)


def test_a_key_is_taken_from_what_it_did_and_that_is_said() -> None:
    after, said = USUAL.given("blink", int(Key.Key_PageDown))
    assert after.doing(Key.Key_PageDown) == "blink"
    assert after.doing(Key.Key_N) == "next"
    assert said == "Page ↓ does “Blink” now. It did “Next” before."


def test_a_doing_left_without_a_key_gets_one_in_exchange() -> None:
    after, said = USUAL.given("blink", int(Key.Key_G))
    assert after.doing(Key.Key_G) == "blink"
    assert after.doing(Key.Key_Period) == "grey"
    assert "“Grey” has . instead" in said
    alone, _ = USUAL.given("steps", int(Key.Key_Q))
    assert (alone.of["steps"], alone.of["squint"]) == ((int(Key.Key_Q),), (int(Key.Key_V),))


def test_media_keys_can_be_given_and_are_named() -> None:
    after, said = USUAL.given("next", int(Key.Key_MediaNext))
    assert after.doing(Key.Key_MediaNext) == "next"
    assert shown_key(int(Key.Key_MediaNext)) in said
    assert "Media" in said


@pytest.mark.parametrize("key", [CLOSE, int(Key.Key_Tab), int(Key.Key_Shift), int(Key.Key_unknown), 0])
def test_some_keys_cannot_be_given(key: int) -> None:
    after, said = USUAL.given("next", key)
    assert after is USUAL
    assert said == refused(key) != ""


def test_the_same_key_again_changes_nothing() -> None:
    after, said = USUAL.given("grey", int(Key.Key_G))
    assert (after, said) == (USUAL, "G does “Grey” already.")


@settings(max_examples=60, deadline=None)
@given(st.lists(st.tuples(st.sampled_from([each.name for each in GIVEN]), st.sampled_from(_ANY)), max_size=25))
def test_whatever_is_given_every_doing_keeps_a_key_and_esc_closes(changes: list[tuple[str, int]]) -> None:
    keys = USUAL
    for name, key in changes:
        keys, said = keys.given(name, key)
        assert said
    held = [key for each in keys.of.values() for key in each]
    assert len(set(held)) == len(held)
    assert all(0 < len(each) <= MOST_KEYS for each in keys.of.values())
    assert keys.doing(CLOSE) == "close"
    assert Keys.from_json(keys.to_json()) == keys


@pytest.mark.parametrize(
    "data",
    [
        None, 3, "N", [], {"next": 5}, {"next": []}, {"next": ["N"]}, {"next": [True]}, {"nothing": [65]},
        {"next": [int(Key.Key_G)]}, {"next": [CLOSE]}, {"close": [65]}, {"next": [int(Key.Key_Tab)]},
        {"next": list(range(200, 200 + MOST_KEYS + 1))},
    ],
)  # fmt: skip
def test_keys_that_were_kept_badly_are_the_usual_ones(data: Any) -> None:
    assert Keys.from_json(data) == USUAL


def test_only_what_is_not_as_usual_is_kept() -> None:
    assert USUAL.to_json() == {}
    after, _ = USUAL.given("grey", int(Key.Key_F9))
    assert after.to_json() == {"grey": [int(Key.Key_F9), int(Key.Key_G)]}


def test_every_doing_has_words() -> None:
    assert all(each.word and each.say for each in DOINGS)
    assert set(BY_NAME) == set(USUAL.of)
