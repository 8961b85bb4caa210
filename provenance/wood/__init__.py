"""The science of wood, importable alone: no Django, nothing else of this project.

The tables beside the modules carry for every figure where it was read and how far it is trusted:

* read: read in a copy of the publication named;
* derived: worked out from another table of it;
* confirmed: remembered, and confirmed by a second publication;
* memory: remembered only, to be shown with "from memory, unconfirmed".

What the sources lack is None, never a cousin's figure.
"""
