"""Heat that the module makes: how warm module, blade end and grip become, and how short the slug may be for it."""
