"""The guest's side: answers the test on the host over a virtio serial port. Standard library only."""
