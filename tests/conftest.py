"""How property tests run: no timing fails a test, and a build machine draws the same examples every time."""

import os

from hypothesis import settings

settings.register_profile("usual", deadline=None)
settings.register_profile("steady", deadline=None, derandomize=True)
settings.load_profile("steady" if os.environ.get("CI") else "usual")
