"""The model: what a design file says, as types, and the words that it chooses between.

``design`` is the whole, made of ``steps``, ``safety`` and ``offers``; ``choices`` are its words,
each a ``Literal`` declared once; ``weights`` and ``currencies`` are what papers weigh and money is
counted in; ``checksum`` marks a design.
"""
