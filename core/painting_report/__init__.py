"""The report of a whole painting, to keep or to hand to a buyer or a student: a PDF of all that its folder holds."""
