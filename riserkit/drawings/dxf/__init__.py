"""All that touches ezdxf: documents, canvas, blocks, layers, marks, measured text.

Foundations, plain values in (nothing of them reads a site or a design)
-----------------------------------------------------------------------

Millimetres of paper everywhere, the origin at the sheet's lower left corner. Diagrams are drawn in the model at
1:1, so that model and paper share their coordinates; a plan's view has a scale of its own.

A sheet from start to end::

    size = sheet_size("ISO A3")                                   # sheet_size
    title = TitleBlock(legal_owner=..., number=..., title=..., project=..., sheet="1 of 3",
                       date_of_issue=..., created_by=..., approved_by=..., document_type=...)   # title_block
    frame = SheetFrame(size, title, revisions=(Revision("A", "2026-05-04", "First issue", "RA"),))   # sheet
    canvas = Canvas("T-601", size, DrawingInfo(site_name, digest, "R2018", block_folders))     # canvas
    frame.draw(canvas)
    areas = frame.areas("bottom", legend_share=0.5)               # or "right"; content, notes, legend: Rect
    with canvas.subject("opening:101"):                           # id kept with every entity
        canvas.insert("opening_single", (100, 200), {"MARK": "101"})
    table = lay_out((Column("Mark"), Column("Remarks")), rows, width_mm=areas.notes.width,
                    height_mm=areas.notes.height, title="Openings")    # table
    table.draw(canvas, (areas.notes.x0, areas.notes.y1))          # table.rest: rows left over
    canvas.save(path)
    render_png(path, png); render_svg(path, svg); render_pdf([path, ...], pdf, title=...)      # ..prints.render

Modules
-------
- `text`: `text_width_mm`, `text_bounds_mm`, `wrap`, `shorten`, `fit_text` -> `FittedText`, `block_height_mm`,
  `shown_text`, `escape_text`, `escape_mtext`, `LEAST_HEIGHT_MM`, `LINE_PITCH`.
- `boxes`: `Rect` (goes into `shapely.box(*rect)`), `around`, `turned`, `PlacedBox`, `Occupancy` (`clashes()`).
- `layers`: a constant for each layer's name, `LAYERS`, `LINETYPES_MM`. `pens`: `Pen(layer, weight_mm, linetype)`.
- `canvas`: `Canvas` with `line`, `polyline`, `rect`, `circle`, `arc`, `fill`, `hatch`, `text`, `lines`, `paragraph`,
  `insert`, `dimension`; `subject(id)` and `paper()` as contexts; `placed` and `placed_on_paper` (`Occupancy`);
  `save`, `to_bytes`. `text`, `lines`, `paragraph`, `insert` return the `Rect` they cover.
- `view`: `View(paper, model_center, scale)`. With `scale=50` the model's points are real millimetres seen at 1:50;
  heights of text and sizes of symbols stay those of paper.
- `symbols`: `SYMBOLS[name]` -> `Symbol(name, meaning, body, tags, ports, letters)`; groups `RISER_SYMBOLS`,
  `CIRCUIT_SYMBOLS`, `ELEVATION_SYMBOLS`, `ANNOTATION_SYMBOLS`.
- `blocks`: `block_folder`, `find_block`, `load_block`, `BLOCK_TAGS`; a site's folder goes before the shipped one.
- `marks`: extended data: `read_mark`, `fingerprint`, `origin` (ours, edited, copy, manual), `stamp`.
- `document`: `new_document`, `save`, `to_bytes`, `fixed_metadata`, `write_whole`.
- `sheet_size`: `sheet_size(name)`, `series_sizes(series)`, `SHEET_SIZES`.
- `lettering`: `Anchor`, `entity_box` (box of a TEXT or ATTRIB read back). `frames`: frames and titles of a set's sheets.
- `listings`: tables flowing through the rooms that sheets have left. `record`: what was drawn, kept in the file.

Errors are `DrawingError` and its subclasses in `errors`.
"""
