"""The catalogue of pictures, one module a family. A pattern knows nothing of keys, clocks or screens."""
