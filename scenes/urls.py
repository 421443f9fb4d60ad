"""Addresses of the scenes app."""

from django.urls import URLPattern, path

from scenes.views import (
    costumes,
    files,
    grid,
    guises,
    paste,
    people,
    pins,
    plot,
    rigs,
    roles,
    scene_list,
    scenes,
    shows,
    sketches,
    undo,
    ways,
)

app_name = "scenes"

CELL = "shows/<int:pk>/plot/write/<int:guise_pk>/<uuid:scene_key>/"
ROLE = "shows/<int:pk>/roles/<int:role_pk>/"
GUISE = "shows/<int:show_pk>/guises/<int:pk>/"
COSTUME = "shows/<int:show_pk>/costumes/<int:pk>/"
SKETCH = "shows/<int:show_pk>/sketches/<int:pk>/"

urlpatterns: list[URLPattern] = [
    path("company/<int:company_pk>/shows/new/", shows.show_new, name="show_new"),
    path("shows/<int:pk>/edit/", shows.show_edit, name="show_edit"),
    path("shows/<int:pk>/scenes/", scene_list.scene_list, name="scene_list"),
    path("shows/<int:pk>/scenes/add/", scenes.scene_add, name="scene_add"),
    path("shows/<int:pk>/scenes/move/", scenes.scene_move, name="scene_move"),
    path("shows/<int:pk>/scenes/<uuid:key>/edit/", scenes.scene_edit, name="scene_edit"),
    path("shows/<int:pk>/scenes/<uuid:key>/remove/", scenes.scene_remove, name="scene_remove"),
    path("shows/<int:pk>/roles/add/", roles.character_add, name="character_add"),
    path("shows/<int:pk>/roles/move/", roles.character_move, name="character_move"),
    path("shows/<int:pk>/files/", files.file_list, name="file_list"),
    path("shows/<int:pk>/files/import/", files.plot_import, name="plot_import"),
    path("shows/<int:pk>/files/<str:name>", files.file_download, name="file_download"),
    path(f"{ROLE}edit/", roles.character_edit, name="character_edit"),
    path(f"{ROLE}remove/", roles.character_remove, name="character_remove"),
    path(f"{ROLE}guises/add/", roles.guise_add, name="guise_add"),
    path(GUISE, guises.guise_detail, name="guise_detail"),
    path(f"{GUISE}edit/", guises.guise_edit, name="guise_edit"),
    path(f"{GUISE}remove/", guises.guise_remove, name="guise_remove"),
    path(f"{GUISE}rigs/set/", rigs.rig_set, name="rig_set"),
    path(f"{GUISE}rigs/<int:rig_pk>/remove/", rigs.rig_remove, name="rig_remove"),
    path(f"{GUISE}costumes/add/", costumes.costume_add, name="costume_add"),
    path(f"{COSTUME}edit/", costumes.costume_edit, name="costume_edit"),
    path(f"{COSTUME}remove/", costumes.costume_remove, name="costume_remove"),
    path(f"{GUISE}sketches/add/", sketches.sketch_add, name="sketch_add"),
    path(SKETCH, sketches.sketch_file, name="sketch_file"),
    path(f"{SKETCH}choose/", sketches.sketch_choose, name="sketch_choose"),
    path(f"{SKETCH}put-back/", sketches.sketch_put_back, name="sketch_put_back"),
    path(f"{SKETCH}give/", sketches.sketch_give, name="sketch_give"),
    path(f"{SKETCH}remove/", sketches.sketch_remove, name="sketch_remove"),
    path("shows/<int:pk>/plot/", plot.plot, name="plot"),
    path("shows/<int:pk>/plot/people/", people.plot_people, name="plot_people"),
    path("shows/<int:pk>/plot/blanks/", people.plot_range, name="plot_range"),
    path("shows/<int:pk>/plot/pins/<int:guise_pk>/add/", pins.pin_add, name="pin_add"),
    path("shows/<int:pk>/plot/pins/<uuid:key>/lift/", pins.pin_lift, name="pin_lift"),
    path("shows/<int:pk>/plot/ways/add/", ways.way_add, name="way_add"),
    path("shows/<int:pk>/plot/ways/<int:way_pk>/edit/", ways.way_edit, name="way_edit"),
    path("shows/<int:pk>/plot/ways/<int:way_pk>/out/", ways.way_remove, name="way_remove"),
    path("shows/<int:pk>/plot/times/", plot.times_edit, name="times_edit"),
    path("shows/<int:pk>/plot/changes/<int:guise_pk>/add/", plot.change_add, name="change_add"),
    path("shows/<int:pk>/plot/changes/<uuid:key>/edit/", plot.change_edit, name="change_edit"),
    path("shows/<int:pk>/plot/changes/<uuid:key>/out/", plot.change_remove, name="change_remove"),
    path("shows/<int:pk>/plot/write/", grid.plot_grid, name="plot_grid"),
    path("shows/<int:pk>/plot/undo/", undo.plot_undo, name="plot_undo"),
    path("shows/<int:pk>/plot/redo/", undo.plot_redo, name="plot_redo"),
    path("shows/<int:pk>/plot/paste/", paste.plot_paste, name="plot_paste"),
    path(CELL, grid.plot_cell, name="plot_cell"),
    path(f"{CELL}pick/", grid.cell_pick, name="cell_pick"),
    path(f"{CELL}clear/", grid.cell_clear, name="cell_clear"),
    path(f"{CELL}copy/", grid.cell_copy, name="cell_copy"),
]
