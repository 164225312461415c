"""Plans, coats and logs by chance, for the tests of sittings."""

from datetime import UTC, date, datetime, timedelta, timezone

from hypothesis import strategies as st

from core.sitting.coat import Coat, Lies, SittingTube
from core.sitting.layer import Medium, Thickness
from core.sitting.log import LoggedSitting, SittingLog, ToMend
from core.sitting.plan import PlannedSitting, SittingPlan
from core.sitting.timer import Stretch, Timer

TUBES = (
    SittingTube("titanium white", ("PW6",)),
    SittingTube("lead white", ("PW1",)),
    SittingTube("yellow ochre", ("PY43",)),
    SittingTube("burnt umber", ("PBr7",)),
    SittingTube("burnt sienna", ("PBr7",)),
    SittingTube("alizarin crimson", ("PR83",)),
    SittingTube("cobalt blue", ("PB28",)),
    SittingTube("ultramarine", ("PB29",)),
    SittingTube("ivory black", ("PBk9",)),
    SittingTube("my own mixture"),
)
texts = st.text(max_size=12)
moments = st.datetimes(
    datetime(2020, 1, 1),
    datetime(2030, 1, 1),
    timezones=st.sampled_from([UTC, timezone(timedelta(hours=-5)), timezone(timedelta(hours=9, minutes=30))]),
)
coats = st.builds(
    Coat,
    st.sampled_from(Medium),
    st.sampled_from(Thickness),
    st.lists(st.sampled_from(TUBES), max_size=5, unique=True).map(tuple),
    st.sampled_from(Lies),
)


@st.composite
def plans(draw: st.DrawFn) -> SittingPlan:
    keys = draw(st.lists(st.integers(1, 12), max_size=6, unique=True))
    sittings = tuple(PlannedSitting(key, draw(texts), draw(coats), draw(st.integers(1, 1440))) for key in keys)
    return SittingPlan(sittings, max(keys, default=0) + draw(st.integers(1, 3)))


timers = st.builds(
    Timer,
    st.lists(st.builds(Stretch, moments, moments, st.none() | st.integers(0, 1440)), max_size=3).map(tuple),
    st.none() | moments,
)
ids = st.none() | st.integers(1, 99)


@st.composite
def logs(draw: st.DrawFn) -> SittingLog:
    keys = draw(st.lists(st.integers(1, 12), max_size=4, unique=True))
    lines = st.lists(st.builds(ToMend, st.text(min_size=1, max_size=9), st.booleans()), max_size=3).map(tuple)
    days = st.none() | st.dates(date(2020, 1, 1), date(2030, 1, 1))
    return SittingLog(
        tuple(
            LoggedSitting(
                key,
                draw(coats),
                draw(days),
                draw(texts),
                draw(timers),
                draw(ids),
                draw(ids),
                draw(texts),
                draw(lines),
                draw(ids),
            )
            for key in keys
        )
    )
