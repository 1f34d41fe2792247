"""What holds the guys: the ground, the anchors in it, their loads."""
