"""What of the work shows: flat-on, obliquely, with its ribbons, and what is hidden."""
