"""The legend of lines and signs, and the bars to measure."""
