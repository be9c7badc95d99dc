//! The devices of a catalogue by themselves, for whoever chooses among them.

use rig::Device;

use crate::catalogue::{Catalogue, Family};
use crate::format::RIG;
use crate::read::resolve::resolve;
use crate::read::walk::walk;

impl Catalogue {
    /// Every device kind as a document without a word of its own on it would have it, in the order of
    /// [`Catalogue::entries`]. The tags are made up; [`Device::kind`] tells which is which.
    pub fn devices(&self) -> Vec<Device> {
        let mut text = "format = 1\n[job]\ntitle = \"kinds\"\n".to_owned();
        let kinds = self.entries().into_iter().filter(|entry| entry.family == Family::Device);
        for (number, entry) in kinds.enumerate() {
            let id = toml_edit::Value::from(entry.id);
            text.push_str(&format!("[[device]]\ntag = \"K{number}\"\nkind = {id}\n"));
        }
        let (tree, _) = walk(0, &text, &RIG);
        resolve(&tree, Vec::new(), self, None).rig.devices
    }
}
