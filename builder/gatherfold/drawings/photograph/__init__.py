"""The photo plan: where pictures go in the open work."""
