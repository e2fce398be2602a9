"""What every sheet is made of: paper, frame, text, tables, symbols, layers, and the canvas that draws and stamps them."""
