"""Survey: the plan or the list of devices, spots, and what was read there."""
