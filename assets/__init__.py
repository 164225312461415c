"""Files that come with the program: the typeface and the demo painting."""
