"""Arm's length."""
