"""The sittings: their plan, the log of each, drying, cautions, the page and the calendar."""
