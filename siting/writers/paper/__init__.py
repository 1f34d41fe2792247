"""What every printed sheet is drawn with: canvas, frame, tables, charts, sketches."""
