"""The tools of the canvas by name: one class and one file each."""

from __future__ import annotations

from app.canvas.tools.furniture_box import BenchTool, CabinetTool, MachineTool
from app.canvas.tools.joists import JoistTool
from app.canvas.tools.keep_out import KeepOutTool
from app.canvas.tools.note import NoteTool
from app.canvas.tools.opening import DoorTool, OverheadDoorTool, WindowTool
from app.canvas.tools.picture import PictureTool
from app.canvas.tools.room_outline import RoomOutlineTool
from app.canvas.tools.select import SelectTool
from app.canvas.tools.tape import TapeTool
from app.canvas.tools.tool import Tool

__all__ = ["TOOLS"]

TOOLS: dict[str, type[Tool]] = {
    tool.name: tool
    for tool in (
        SelectTool,
        RoomOutlineTool,
        BenchTool,
        MachineTool,
        CabinetTool,
        DoorTool,
        WindowTool,
        OverheadDoorTool,
        KeepOutTool,
        JoistTool,
        NoteTool,
        PictureTool,
        TapeTool,
    )
}
