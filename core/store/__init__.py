"""How a painting is kept on disk: one idea a module; the painting itself is ``core.painting``."""
