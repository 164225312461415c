"""What a film is made of: settings and their keeping, the timeline, and sentences for what cannot be a film."""

import json
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from core.errors import CanvasError, PainterError
from core.progress_film.film import (
    FilmSettings,
    FilmShot,
    LightOf,
    Order,
    ProgressFilm,
    frames_in_all,
    settings_from_json,
    timeline,
)
from tests.core.progress_film.film_case import CORNERS, SIZE

some_settings = st.builds(
    FilmSettings,
    rate=st.integers(1, 60),
    stand_s=st.floats(0.04, 5),
    fade_s=st.floats(0, 3),
    hold_s=st.floats(0, 5),
    width_px=st.integers(64, 3840),
    order=st.sampled_from(Order),
    light_of=st.sampled_from(LightOf),
    steady=st.booleans(),
)
junk = st.none() | st.booleans() | st.integers() | st.floats() | st.text() | st.lists(st.integers())


def shots(*sittings: int) -> tuple[FilmShot, ...]:
    return tuple(FilmShot(Path(f"{n}.jpg"), CORNERS, sitting=s) for n, s in enumerate(sittings))


@given(st.integers(1, 6), some_settings)
@settings(max_examples=40, deadline=None)
def test_the_timeline_shows_every_photo_in_turn(count: int, chosen: FilmSettings) -> None:
    seen = timeline(count, chosen)
    assert [moment.photo for moment in seen if not moment.share] == list(range(count))
    assert all(0 < moment.share < 1 and moment.frames == 1 for moment in seen if moment.share)
    for photo in range(count - 1):
        shares = [moment.share for moment in seen if moment.photo == photo and moment.share]
        assert shares == sorted(shares)
        assert len(shares) == round(chosen.fade_s * chosen.rate)
    assert frames_in_all(count, chosen) == sum(moment.frames for moment in seen)


def test_how_long_a_film_runs() -> None:
    """Three photos of 2 s, crossing in 0.5 s, the last held 3 s longer: 10 s at 24 frames a second."""
    assert frames_in_all(3, FilmSettings(rate=24, stand_s=2, fade_s=0.5, hold_s=3)) == 240
    stepped = timeline(3, FilmSettings(rate=24, stand_s=2, fade_s=0, hold_s=0))
    assert [(moment.photo, moment.share, moment.frames) for moment in stepped] == [(0, 0, 48), (1, 0, 48), (2, 0, 48)]


@given(some_settings)
@settings(max_examples=40, deadline=None)
def test_settings_come_back_as_they_were_kept(chosen: FilmSettings) -> None:
    assert settings_from_json(json.loads(json.dumps(chosen.to_json()))) == (chosen, ())


@given(junk | st.dictionaries(st.sampled_from([*FilmSettings().to_json(), "newer"]), junk))
@settings(max_examples=80, deadline=None)
def test_broken_or_newer_settings_become_the_usual(kept: object) -> None:
    read, notes = settings_from_json(kept)
    assert isinstance(read, FilmSettings)
    assert all(note.endswith(".") for note in notes)


def test_one_broken_setting_leaves_the_others_and_is_told() -> None:
    read, notes = settings_from_json({"rate": 12, "fade_s": "long", "order": "by mood", "newer": 1})
    assert read == FilmSettings(rate=12)
    assert notes == ("Some settings of the film could not be read; they are as usual again.",)
    assert settings_from_json(None) == (FilmSettings(), ())


def test_the_order() -> None:
    film = ProgressFilm(SIZE, shots(2, 1, 2, 1))
    names = {
        order: "".join(shot.called[0] for shot in replace(film, settings=replace(film.settings, order=order)).in_order)
        for order in Order
    }
    assert names == {Order.GIVEN: "0123", Order.SITTINGS: "1302", Order.BACKWARDS: "3210"}


@pytest.mark.parametrize(
    ("wrong", "told"),
    [
        ({"rate": 0}, "Frames a second goes from 1 to 60; 0 was asked for."),
        ({"stand_s": float("nan")}, "The time a photo stands goes from 0.04 to 60 s"),
        ({"width_px": 9000}, "The width goes from 64 to 3840 px; 9000 was asked for."),
    ],
)
def test_settings_beyond_reason(wrong: dict[str, float], told: str) -> None:
    with pytest.raises(PainterError, match=told):
        FilmSettings(**wrong)  # type: ignore[arg-type]


def test_what_cannot_become_a_film() -> None:
    with pytest.raises(PainterError, match="One photo makes no film"):
        ProgressFilm(SIZE, shots(1)).for_film()
    with pytest.raises(PainterError, match="A film needs photos"):
        ProgressFilm(SIZE, ())
    with pytest.raises(PainterError, match=r"can be written\. Choose fewer photos"):
        ProgressFilm(SIZE, shots(1) * 60, FilmSettings(rate=60, stand_s=30)).for_film()


def test_corners_are_asked_for_by_the_photos_name() -> None:
    with pytest.raises(CanvasError, match=r"“third.jpg” has no canvas corners yet. Place its four corners"):
        ProgressFilm(SIZE, (*shots(1, 1), FilmShot(Path("third.jpg"), None)))
    with pytest.raises(CanvasError, match=r"“Block-in”: A canvas needs four corners"):
        ProgressFilm(SIZE, (FilmShot(Path("a.jpg"), CORNERS[:3], name="Block-in"),))
