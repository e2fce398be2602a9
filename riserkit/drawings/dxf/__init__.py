"""All that touches ezdxf: documents, canvas, blocks, layers, marks, measured text.

Millimetres of paper everywhere, the origin at the sheet's lower left corner. Diagrams are drawn in the model at
1:1, so that model and paper share their coordinates; a plan's view has a scale of its own.

A sheet from start to end::

    size = sheet_size("ISO A3")
    frame = SheetFrame(size, TitleBlock(...), revisions=(RevisionLine("A", "2026-05-04", "First issue", "RA"),))
    canvas = Canvas("T-601", size, DrawingInfo(site_name="...", block_folders=(folder,)))
    frame.draw(canvas)
    with canvas.subject("opening:101"):                           # id kept with every entity
        canvas.insert("opening_single", (100, 200), {"MARK": "101"})
    table = lay_out(Table("Openings", columns, rows), width_mm=frame.content.width)
    table.draw(canvas, (frame.content.x0, frame.content.y1))
    canvas.save(path)

Errors are `DrawingError` and its subclasses in `errors`.
"""
