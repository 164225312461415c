"""The modules that build the bundle lie in no package: they are found by their folder."""

import sys
from pathlib import Path

FOLDER = Path(__file__).resolve().parents[2] / "packaging"

sys.path.extend([str(FOLDER / "bundle"), str(FOLDER)])
