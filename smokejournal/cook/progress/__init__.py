"""Where a cook stands, folded from its log: stages, alarms, hopper, the sentence. It knows no plan and no forecast."""
