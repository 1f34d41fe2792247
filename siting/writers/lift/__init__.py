"""The lift sheet and the lift-day tables."""
