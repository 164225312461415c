"""The painting from its first sitting to its last as a film: photos held still, evened in light, cross-faded."""
