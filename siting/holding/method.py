"""How the ground's hold is worked out and what that leaves out, in the words that the sheets print."""

from __future__ import annotations

METHOD = (
    "Pull at an anchor: the maker's figure where the mast file has one; else the wind screening where [wind] gives a speed; else what "
    "its guys break at. In the lift: what the lift's lines pull. Screening is no design.",
    "Screw: bearing of each plate, and the torque that it is stopped at. Buried plate: breakout upwards and push of the ground "
    "before it, joined by a straight line. Grouted bar in rock: bond, cone of rock, steel. Pins: short piles, and their bending.",
    "Each method is used inside its stated range and refused outside it; sources and ranges: docs/method/holding.md.",
    "Cover counts below the lowest ground that would break out; near a bank nothing is worked out.",
    "Left out: layers, creep, repeated load, anchors that stand close together, the steel of rods and plates, the slope's own "
    "stability, frost heave, corrosion.",
)
