"""The page: a tiling job from its measures to its last cut, served beside the interface."""
