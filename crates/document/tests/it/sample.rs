//! A small job that uses most of the format, as text.

/// Two devices, a brick, a panel, two runs, a lead entry, a state, an acceptance.
pub(crate) const SAMPLE: &str = r#"# A small job.
format = 1

[job]
title = "Small board" # kept
player = "Maren Tolvik"
mains = { volts = "230 V", hertz = "50 Hz" }

[brief]
carried = "hand"
carriers = 2
requirements = [{ id = "R1", text = "quiet" }]

[source.guitar]
pickup = "single-coil"
lead = { is = "5 m", from = "measured" }

[sink.amp]
z = "1 Mohm"
lead = "3 m"

[board]
direction = "right-to-left"
mass = "950 g"
[board.deck.main]
size = { width = "480 mm", depth = "7 1/2 in" }
thickness = "10 mm"
clear_below = "28 mm"
[board.deck.main.riser.back]
x = "0 mm"
y = "120 mm"
width = "480 mm"
depth = "70 mm"
height = "25 mm"
[board.lid]
inside_height = "90 mm"

[leads]
dc = { plug = "barrel-2.1-angled" }

[[device]]
tag = "A1"
from = "printed"
size = { width = "42 mm", depth = "93 mm", height = "52 mm" }
mass = { is = "240 g", from = "measured", date = "2026-03-02" }
signal = { bypass = "hard", bare_pickup = false }
power = { type = "dc", volts = "9 V to 18 V", current = "45 mA", sign = "centre-negative", class = "digital" }
feed = { outlets = ["SUP.1"], exit = "left" }
# where it stands
place = { deck = "main", x = "412 mm", y = "10 mm", turn = 90 }
[device.port.IN]
role = "in"
face = "right"
offset = "52 mm"
height = "20 mm"
z = "1 MΩ"
[device.port.OUT]
role = "out"
face = "left"
offset = "52 mm"
height = "20 mm"
z = "1 kΩ"
[device.port.DC]
role = "power"
face = "back"
offset = "21 mm"
height = "20 mm"

[[device]]
tag = "A2"
size = { width = "42 mm", depth = "93 mm", height = "52 mm" }
mass = "unknown"
power = { type = "none" }
place = { x = "1/2 in", y = "0 mm" }
[device.port.IN]
role = "in"
face = "right"
offset = "52 mm"
height = "20 mm"
[device.port.OUT]
role = "out"
face = "left"
offset = "52 mm"
height = "20 mm"

[[device]]
tag = "SUP"
role = "brick"
size = { width = "120 mm", depth = "60 mm", height = "24 mm" }
bracket = "3 mm"
place = { x = "100 mm", y = "60 mm", under = true }
[device.outlet.1]
type = "dc"
setting = [{ volts = "9 V", current = "100 mA" }]
sign = "centre-negative"
isolation = "isolated"
face = "front"
offset = "20 mm"
height = "12 mm"

[[run]]
name = "main"
stops = ["guitar", "A1", "A2.IN", "amp"]

[[lead]]
from = "A1.OUT"
to = "A2.IN"
tag = "L07"
from_plug = "jack-flat"
from_exit = "toe"

[[state]]
name = "lead sound"
engaged = ["A1"]

[[accept]]
rule = "outlet-load"
devices = ["SUP", "A1"]
reason = "measured on the bench"

[mass]
leads = "275 g"
"#;
