"""Keys: single ones and a matrix pad on GPIO, and the kernel's input devices; all give edges of logical keys."""
