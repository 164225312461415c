"""The temperature question: how warm or cool a passage is beside its neighbours."""
