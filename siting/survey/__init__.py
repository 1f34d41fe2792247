"""What a surveyor needs beside the stakes: offsets, ties, control, point lists, and the points as staked."""
