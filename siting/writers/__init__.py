"""The files of a packet. They print the plan and compute nothing."""
