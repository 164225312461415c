"""The panels beside the wall: one for each question that is asked of a painting."""
