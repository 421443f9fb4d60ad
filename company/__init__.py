"""The Django project, and the app of tenant, people and hours that the others stand on."""
