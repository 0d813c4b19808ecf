"""What may go wrong on a machine, each in its short form: the program starts, or says why it can't."""
