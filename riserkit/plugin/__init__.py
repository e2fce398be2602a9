"""Plugins: the hooks they may implement, finding them, and asking them so that one that fails harms nothing else."""
