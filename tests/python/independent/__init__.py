"""A second implementation of the bench's pointing, written from the physics and the manual and not from the Rust code.

Layers, ground floor first; each imports only those before it:

- ``sky``: instants, sites, air, star places, by the ERFA astrometry library
- ``chain``: the rigid chain of the mount, forward and inverse, with flexure
- ``drive``: motion profiles, tracking, and what lies between dial and axis
- ``night``: belief, go-to, look and miss; rows to compare with ``night.json``
- ``presses``, ``person``, ``fitting``, ``evening``: what a key does to an axis, the hand at the keys, what a mount makes of its
  stars, and a whole evening with them
- ``many``, ``many_evenings``: the same with arrays, all nights of a study at once
- ``gears``, ``motion``, ``geared``: drive trains with play and load, slews as functions of time, a night with them
- ``draws``, ``gear_draws``: random nights and their scenario files

Angles are radians and times are seconds unless a name says otherwise. Directions are unit vectors
(East, North, Up) of the observer's horizon.
"""
