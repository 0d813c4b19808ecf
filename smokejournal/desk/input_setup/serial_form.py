"""The form for a serial line: which port, how fast, how framed, and its two control wires."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import Qt
from PySide6.QtWidgets import (
    QComboBox,
    QFormLayout,
    QLabel,
    QSizePolicy,
    QWidget,
)

from smokejournal.desk.base.widgets import new_button, new_label, new_row, say
from smokejournal.desk.parts.choice_box import ChoiceBox
from smokejournal.inputs.line_format import LineFormat
from smokejournal.inputs.ports import list_ports
from smokejournal.inputs.serial_line import BYTE_SIZES, PARITIES, STOP_BITS, SerialConfig

SPEEDS = (1200, 2400, 4800, 9600, 19200, 38400, 57600, 115200, 230400, 460800, 921600)
SLOWEST, FASTEST = 50, 4_000_000


class SerialForm(QWidget):
    """`config()` is what is chosen."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("serialForm")
        self.port = self._box("serialPort", self.tr("Port"), editable=True)
        self._refresh = new_button(
            self,
            self.tr("&Refresh"),
            self.refresh_ports,
            name="serialRefresh",
            tip=self.tr("Look for ports again"),
        )
        row = new_row(None, (self.port, 1), self._refresh, margins=0)
        self._found = new_label(self, name="serialFound", kind="faint", wraps=True)
        self._problem = new_label(
            self, name="serialProblem", kind="problem", wraps=True, hidden=True
        )
        self.speed = self._box("serialSpeed", self.tr("Speed"), editable=True)
        self.speed.addItems([str(speed) for speed in SPEEDS])
        self.bits = self._box(
            "serialBits", self.tr("Data bits"), [(str(bits), bits) for bits in reversed(BYTE_SIZES)]
        )
        words = {
            "N": self.tr("none"),
            "E": self.tr("even"),
            "O": self.tr("odd"),
            "M": self.tr("mark"),
            "S": self.tr("space"),
        }
        self.parity = self._box(
            "serialParity", self.tr("Parity"), [(words[parity], parity) for parity in PARITIES]
        )
        self.stop = self._box(
            "serialStop", self.tr("Stop bits"), [(f"{stop:g}", stop) for stop in STOP_BITS]
        )
        self.dtr = self._wire("serialDtr", "DTR")
        self.rts = self._wire("serialRts", "RTS")
        framing = new_row(None, self.bits, (self.parity, 1), self.stop, margins=0)
        form = QFormLayout(self)
        form.setContentsMargins(0, 0, 0, 0)
        form.setVerticalSpacing(6)
        form.addRow(self._label(self.tr("P&ort"), self.port), row)
        form.addRow("", self._found)
        form.addRow(self.tr("&Speed"), self.speed)
        form.addRow(self._label(self.tr("&Framing"), self.bits), framing)
        form.addRow("&DTR", self.dtr)
        form.addRow("R&TS", self.rts)
        form.addRow("", self._problem)
        hint = new_label(
            self,
            self.tr(
                "Speed and framing are in the device's manual; 9600 or 115200 with 8 bits, no "
                "parity and 1 stop bit are usual. Some boards restart when DTR changes."
            ),
            kind="faint",
            wraps=True,
        )
        form.addRow(hint)
        self.set_config(SerialConfig(port=""))
        self.refresh_ports()

    def _box(
        self,
        name: str,
        label: str,
        choices: Sequence[tuple[str, object]] = (),
        *,
        editable: bool = False,
    ) -> QComboBox:
        box = ChoiceBox(self, name=name, hears=label, choices=choices)
        box.setToolTip(label)
        box.setEditable(editable)
        box.setInsertPolicy(QComboBox.InsertPolicy.NoInsert)
        box.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Fixed)
        edit = box.lineEdit()
        if edit is not None:
            edit.setAccessibleName(label)
            box.setCompleter(None)  # type: ignore[arg-type]
        box.currentTextChanged.connect(self._on_changed)
        return box

    def _label(self, text: str, of: QWidget) -> QLabel:
        label = QLabel(text, self)
        label.setBuddy(of)
        return label

    def _wire(self, name: str, label: str) -> QComboBox:
        ways = (
            (self.tr("leave it"), None),
            (self.tr("switch on"), True),
            (self.tr("switch off"), False),
        )
        return self._box(name, label, ways)

    def refresh_ports(self) -> None:
        """Look again which ports there are. What is typed stays."""
        typed = self.port.currentText()
        ports = list_ports()
        self.port.blockSignals(True)
        self.port.clear()
        for port in ports:
            self.port.addItem(port.path)
            self.port.setItemData(self.port.count() - 1, port.text, Qt.ItemDataRole.ToolTipRole)
        self.port.blockSignals(False)
        self.port.setCurrentText(typed or (ports[0].path if ports else ""))
        self._found.setText(
            "\n".join(f"{p.path}: {p.text}" if p.text else p.path for p in ports[:4])
            or self.tr("No port is listed. Plug the device in and refresh, or type its path.")
        )

    def config(self, form: LineFormat) -> SerialConfig | None:
        """What is chosen, with this line format; None, with the message shown, where it can't be."""
        port = self.port.currentText().strip()
        if not port:
            self._refuse(self.tr("Choose the port that the device is plugged into."))
            return None
        typed = self.speed.currentText().strip()
        if not typed.isascii() or not typed.isdigit() or not SLOWEST <= int(typed) <= FASTEST:
            self._refuse(self.tr("The speed is a whole number of bits a second, such as 9600."))
            return None
        self._refuse("")
        return SerialConfig(
            port=port,
            speed=int(typed),
            byte_size=self.bits.currentData(),
            parity=self.parity.currentData(),
            stop_bits=self.stop.currentData(),
            dtr=self.dtr.currentData(),
            rts=self.rts.currentData(),
            format=form,
        )

    def set_config(self, config: SerialConfig) -> None:
        """Show what was chosen before."""
        self.port.setCurrentText(config.port)
        self.speed.setCurrentText(str(config.speed))
        for box, value in (
            (self.bits, config.byte_size),
            (self.parity, config.parity),
            (self.stop, config.stop_bits),
        ):
            box.setCurrentIndex(box.findData(value))
        for box, wire in ((self.dtr, config.dtr), (self.rts, config.rts)):
            box.setCurrentIndex({None: 0, True: 1, False: 2}[wire])

    def _refuse(self, message: str) -> None:
        say(self._problem, message)

    def _on_changed(self) -> None:
        self._refuse("")
