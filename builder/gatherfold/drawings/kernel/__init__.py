"""What all pictures are drawn with: plane geometry, scenes, styles, lettering, a canvas, ink."""
