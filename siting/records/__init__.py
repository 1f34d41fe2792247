"""Frozen data that the stages hand on: no behaviour but self-validation."""
