"""How long each view of the value question takes, at screen size and in full: ``python -m tests.measure.value_views``.

The reference is the demo's, enlarged to 24 megapixels: at screen size, as large as the window shows it, 12 megapixels,
and every pixel of it. The best of four, by the clock and of one processor's time.
"""

import time
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from tempfile import TemporaryDirectory

from PIL import Image

from app.prints import PrintKey, Sheet, Source, make_print, make_sheet, read_photo
from app.values import jobs
from app.values.looks import KeyedKey, PlanKey
from app.view import Look
from app.wall.mapping import Mapping
from core.demo import DEMO, DEMO_SIZE

PLAN = PlanKey((2.0, 4.0, 6.0, 8.0), at_middles=False, smallest_mm2=9.0)
KEYED = KeyedKey("keep the lights", 1.6, 9.5)


def _quiet(share: float = -1.0, say: str = "") -> None:
    """Nobody listens."""


def _best(work: Callable[[], object]) -> tuple[float, float]:
    times = []
    for _ in range(4):
        by_clock, of_processor = time.perf_counter(), time.process_time()
        work()
        times.append((time.perf_counter() - by_clock, time.process_time() - of_processor))
    return min(each[0] for each in times), min(each[1] for each in times)


def views(key: PrintKey) -> dict[str, PrintKey]:
    steps = replace(key, look=Look.STEPS, plan=PLAN)
    return {
        "steps": steps,
        "steps, squinted at": replace(steps, squint_mm=4.0),
        "one step alone": replace(steps, plan=replace(PLAN, alone=1)),
        "steps, keyed": replace(steps, keyed=KEYED),
        "grey, keyed": replace(key, look=Look.GREY, keyed=KEYED),
        "colour, keyed": replace(key, keyed=KEYED),
        "beyond the reach": replace(key, beyond=(1.6, 9.5)),
        "underpainting": replace(key, look=Look.UNDERPAINTING, earth="raw umber"),
    }


def reads(sheet: Sheet) -> dict[str, Callable[[], object]]:
    progress = _quiet
    marks = jobs.find_marks(sheet, None, progress)  # type: ignore[arg-type]
    return {
        "histogram, boundaries": lambda: jobs.read_tones(sheet, None, progress),  # type: ignore[arg-type]
        "first marks": lambda: jobs.find_marks(sheet, None, progress),  # type: ignore[arg-type]
        "order of work": lambda: jobs.find_order(sheet, None, PLAN, 0.0, marks, progress),  # type: ignore[arg-type]
        "looks lighter": lambda: jobs.find_looks_lighter(sheet, progress),  # type: ignore[arg-type]
    }


def main() -> None:
    """Print one line for each view."""
    with TemporaryDirectory() as folder:
        file = Path(folder) / "large.jpg"
        Image.open(DEMO / "reference.jpg").resize((5657, 4243)).save(file, quality=90)
        photo = read_photo(file)
        key = PrintKey(Source(file, 1, DEMO_SIZE, None, is_reference=True), True, Look.COLOUR)
        whole = Sheet(photo.codes, photo.curve, Mapping.flat(photo.width / DEMO_SIZE.width_mm))
        small, shown = (make_sheet(photo, key.sheet(fine=fine), _quiet) for fine in (False, True))
        for sheet in (small, shown, whole):
            print(f"{sheet.codes.shape[1]} × {sheet.codes.shape[0]} pixels: ms by the clock, of a processor")
            works: dict[str, Callable[[], object]] = {
                name: lambda wanted=wanted: make_print(sheet, wanted, _quiet)  # type: ignore[misc]  # noqa: B023
                for name, wanted in views(key).items()
            }
            for name, work in (works | reads(sheet) if sheet is small else works).items():
                by_clock, of_processor = _best(work)
                print(f"  {name:22s} {1000 * by_clock:6.0f} {1000 * of_processor:6.0f}")


if __name__ == "__main__":
    main()
