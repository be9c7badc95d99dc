//! A rig of sixty devices, for what must be quick on it.

/// Sixty compact devices in rows of ten, all in one run, fed from seven bricks.
pub(crate) fn sixty() -> String {
    let mut text = String::from(
        "format = 1\n\n[job]\ntitle = \"Sixty\"\n\n[source.guitar]\npickup = \"single-coil\"\nlead = \"5 m\"\ncable = \"instrument\"\nplug = \"jack-straight\"\n\n[sink.amp]\nkind = \"amp\"\nlead = \"3 m\"\ncable = \"instrument\"\nplug = \"jack-straight\"\n\n[board.deck.main]\nsize = { width = \"1400 mm\", depth = \"1200 mm\" }\n\n[leads]\nsignal = { cable = \"patch-4\", plug = \"jack-flat\" }\ndc = { cable = \"dc-0.22\", plug = \"barrel-2.1-angled\" }\n",
    );
    let mut stops = vec!["\"guitar\"".to_owned()];
    for index in 0..60 {
        let (column, row) = (index % 10, index / 10);
        let outlet = if index < 56 {
            format!("feed = {{ outlets = [\"S{}.{}\"] }}\n", index / 8, index % 8 + 1)
        } else {
            String::new()
        };
        text.push_str(&format!(
            "\n[[device]]\ntag = \"D{index}\"\nkind = \"compact-73x129x59\"\nmass = \"400 g\"\npower = {{ type = \"dc\", volts = \"9 V\", current = \"20 mA\", sign = \"centre-negative\" }}\n{outlet}place = {{ x = \"{} mm\", y = \"{} mm\" }}\n",
            20 + column * 130,
            20 + row * 180
        ));
        stops.push(format!("\"D{index}\""));
    }
    for brick in 0..7 {
        text.push_str(&format!("\n[[device]]\ntag = \"S{brick}\"\nkind = \"brick-6x100-2x400\"\n"));
    }
    stops.push("\"amp\"".to_owned());
    text.push_str(&format!("\n[[run]]\nname = \"main\"\nstops = [{}]\n", stops.join(", ")));
    text
}
