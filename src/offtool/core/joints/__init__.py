"""Joints: what a fit does, by mechanics and as assembled from measured cavities, and which steel moves it."""
