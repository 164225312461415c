"""Tracing: the page on which lines are drawn over the reference."""
