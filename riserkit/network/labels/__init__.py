"""Labels of closets, switches, ports and cables, after the published TIA-606 scheme."""
