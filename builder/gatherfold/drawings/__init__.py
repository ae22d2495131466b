"""Drawing: a resolved design and its sheet plans → figures as vector graphics.

``scene`` is the finished drawing as data (positions final, in mm on paper); the modules named
after a kind of drawing compute scenes; ``figures`` alone imports matplotlib and turns a scene into
SVG.  Every figure carries a text equivalent computed from the same data.
"""
