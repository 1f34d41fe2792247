"""The permit's site map: one drawing to scale, its tables and its checklist."""
