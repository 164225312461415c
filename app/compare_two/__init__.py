"""Any two canvas photos side by side, and what was painted between them."""
