"""Pictures of movements: what a maker closes, opens, turns and slides, frame by frame."""
