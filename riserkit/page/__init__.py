"""The page: a site as static HTML that opens from disk, offline, with nothing fetched.

What is written:

    index.html            overview: doors by status, plans and riser with doors that can be followed
    findings.html         findings, with search, filters, groups and order
    acceptance.html       composes the row of an acceptance
    doors/<mark>.html     one page a door
    sheets/<sheet>.html   sheets that are of no single door: plans, riser, typical details
    assets/               style, scripts, the font; the same in every page folder
    bench/<topology>.js   tables of the live bench, one for all doors wired alike

Rooms: `values` is what a page is made from, frozen, without a site behind it; `render` makes HTML of values by the
templates; the other modules read values off a design. Whoever has a `DoorPage` of other origin, such as an arrangement
without a site, hands it to `render.door_html` and gets the same page.

The bench on a door's page
    Every door's page has `<section id="bench" hidden>`. Where `DoorPage.bench` is a `Bench`, the section is shown and carries
    `data-topology="<topology>"`; in it stands `<script type="application/json" id="bench-door">` with `Bench.door` as JSON
    (what differs from door to door: marks, labels, copper). At the page's end, in this order, each with `defer`:

        <script src="../assets/page.js">
        <script src="../bench/<topology>.js">
        <script src="../assets/bench.js">

    A data script does one thing: it puts its table at `window.riserkitBench[<topology>]`, as in
    `(window.riserkitBench ??= {})["t1"] = {...};`. `assets/bench.js` (and a `bench.css`, linked in the head where the page has a
    bench) builds everything inside the section. A topology's name is of letters, digits, `-` and `_`. `write.write_page` writes the
    script of every topology once, by `bench.bench_file`, whatever number of doors shares it.

What every script keeps to: the policy in each file's head allows scripts and styles from the page's folder alone, no inline
script, no `style` attribute, no connection, and demands trusted types: text goes in by `textContent` and `createElement`, never
as HTML; `element.style.setProperty` and classes are allowed.
"""
