"""The report on the points as staked."""
