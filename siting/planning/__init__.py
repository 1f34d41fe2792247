"""Parts of the planner: the land, the opening of the ground, the closing of the plan, the remarks."""
