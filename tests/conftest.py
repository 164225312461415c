"""On a build machine the property tests draw the same examples every time, so that a change is what fails there."""

import os

from hypothesis import settings

settings.register_profile("steady", derandomize=True)
if os.environ.get("CI"):
    settings.load_profile("steady")
