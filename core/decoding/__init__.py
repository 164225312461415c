"""Picture files to plain numbers: JPEG, PNG, TIFF, WebP and HEIC, and what to say when one cannot be read."""
