"""Backups of paintings, and the open painting as it was on earlier days."""
