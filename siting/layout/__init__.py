"""Where anchors, guys and the fall zone lie."""
