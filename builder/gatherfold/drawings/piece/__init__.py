"""Pictures of single pieces, with their dimensions and notes."""
