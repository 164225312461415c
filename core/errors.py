"""What is told to the painter when something cannot be done.

Every message is one or two plain sentences: what is wrong, and what to do about it.
"""


class PainterError(Exception):
    """Something the painter can act on; ``str(error)`` is shown as it is, never with a traceback."""


class PhotoError(PainterError):
    """A photograph could not be read or written."""


class CanvasError(PainterError):
    """The canvas could not be found or laid flat."""


class DrawingError(PainterError):
    """A drawing could not be read, is unsafe, or does not fit the canvas."""


class ValuesError(PainterError):
    """Values could not be read or planned, or a number given for them is wrong."""


class PaintError(PainterError):
    """A paint, a mixture or a palette is not known, or cannot be worked out."""


class PaintingError(PainterError):
    """A painting's folder could not be opened or saved."""


class CancelledError(PainterError):
    """The painter stopped a long piece of work; nothing was changed."""


class CameraError(PainterError):
    """A camera, stream or film gives no frames, and what to do about it."""
