"""Pure geometry of the layout: outlines, pads, copper, holes, distances. Millimetres, y down."""
