"""The hand-over: photos sent from a phone over the local network, while the painter keeps it open."""
