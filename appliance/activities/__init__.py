"""What a person does with the box, as pure state machines: presses and time in, what to show out."""
