"""One module for each chapter of the package: the list of its steps in the order an engineer would write them."""
