"""The edge question: focal points, the edge plan and its brush, what the eye sees, reading, print, comparison."""
