"""The canvas: found in a photo, its lens straightened, laid flat in mm."""
