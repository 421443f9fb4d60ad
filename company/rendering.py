"""How Django draws forms: with the project's own templates, the same on every page."""

from django.forms.renderers import TemplatesSetting


class FormRenderer(TemplatesSetting):
    """Draws `{{ form }}`, a field group and a formset from templates/_form*.html."""

    form_template_name = "_form.html"
    field_template_name = "_form_field.html"
    formset_template_name = "_formset.html"
