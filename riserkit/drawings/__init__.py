"""Sheets, symbols, placement, riser, door detail: geometry for ezdxf."""
