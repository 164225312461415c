"""The painting on disk: a folder with the original photographs and one SQLite file for everything else.

    photos/                  every photograph brought in, byte for byte, never overwritten
    painting.sqlite          title, size, reference, ledge, drawing, plans, view state, checks, undo
    painting.backup.sqlite   the last good copy of it
    painting.lock            who has the painting open

Every change is on the disk when the call that made it returns. Everything that cannot be done is a PaintingError with
a sentence that says what to do, and leaves the painting as it was.
"""

import hashlib
import json
import os
import sqlite3
from collections.abc import Sequence
from contextlib import suppress
from dataclasses import replace
from datetime import datetime
from pathlib import Path
from typing import Any, Self

from core.errors import PaintingError
from core.size import Size
from core.store import drawings, making, photos
from core.store.faults import told
from core.store.files import Progress
from core.store.lock import AlreadyOpenError
from core.store.observer import Change, Signal
from core.store.opening import open_folder
from core.store.photos import StagedPhoto
from core.store.records import (
    FEWEST_STEPS,
    MOST_STEPS,
    CanvasPhotoRecord,
    CheckRecord,
    Corners,
    DrawingRecord,
    FoundBy,
    PaintingRecord,
    PhotoRecord,
    ReferenceRecord,
    canvas_photo_from,
    corners_text,
    now,
    painting_from,
    plain_text,
    reference_from,
)
from core.store.session import Session

__all__ = [
    "AlreadyOpenError",
    "CanvasPhotoRecord",
    "Change",
    "CheckRecord",
    "Corners",
    "DrawingRecord",
    "FoundBy",
    "Painting",
    "PaintingRecord",
    "PhotoRecord",
    "ReferenceRecord",
    "Signal",
    "StagedPhoto",
]
