"""The photographs read last, kept so that what asks for the same one next need not decode it again."""

import threading
from collections import OrderedDict
from pathlib import Path

from core.photo import Photo, load_photo

_File = tuple[Path, int, int]


class PhotosKept:
    """Holds the last ``most`` photographs; from any thread. A file of another size or time is read again."""

    def __init__(self, most: int = 2) -> None:
        self._most = most
        self._lock = threading.Lock()
        self._held: OrderedDict[_File, Photo] = OrderedDict()

    def photo(self, path: Path) -> Photo:
        """The photograph of a file; raises PhotoError as :func:`core.photo.load_photo` does."""
        try:
            seen = path.stat()
        except OSError:
            return load_photo(path)
        file = (path, seen.st_size, seen.st_mtime_ns)
        with self._lock:
            if file in self._held:
                self._held.move_to_end(file)
                return self._held[file]
        photo = load_photo(path)
        with self._lock:
            self._held[file] = photo
            while len(self._held) > self._most:
                self._held.popitem(last=False)
        return photo

    def forget(self) -> None:
        """Let go of all of them."""
        with self._lock:
            self._held.clear()
