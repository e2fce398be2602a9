"""Finding the fault of a door from readings and from what people see, on the door's one netlist."""
