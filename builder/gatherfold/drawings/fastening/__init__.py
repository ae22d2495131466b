"""Pictures of a fastening that is set: its plan, its section, its detail."""
