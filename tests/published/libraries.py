"""Independent libraries that the tests compare with.

colour-science says at import that matplotlib is missing, which is of no concern here.
"""

import warnings

with warnings.catch_warnings():
    warnings.simplefilter("ignore")
    import colour
    import skimage.color
    import skimage.data

__all__ = ["colour", "skimage"]
