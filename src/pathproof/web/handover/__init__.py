"""Papers and links for customers."""
