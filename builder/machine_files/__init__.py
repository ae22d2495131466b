"""Files for a cutting machine: one SVG and one DXF for each different sheet and for each piece.

In: a resolved design and its sheet plans.  Out: file names and bytes; nothing is written here.
"""

from builder.machine_files.files import machine_files

__all__ = ["machine_files"]
