"""Pure laws of the trade: floats and arrays in base SI, each with its source, range and accuracy."""
