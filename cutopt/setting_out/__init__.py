"""Where the first tile goes: the best start of all surfaces of a job, found exactly."""
