//! A shop folder opened for serving: what is open, what was derived from it, who is told of changes.

use std::collections::BTreeMap;
use std::path::Path;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

use document::Files;
use document::edit::EditError;
use finding::Edit;
use store::{DocumentState, Store, StoreError, Written};
use tokio::sync::{Semaphore, broadcast};

use crate::access::{Access, May, Pace};
use crate::compared::Compared;
use crate::door::Door;
use crate::pages::shop::JobCard;
use crate::papers::Papers;
use crate::read::{Opened, Read, Trouble};
use crate::recordings::Takes;

/// The state of a document's file, and of what it rests on in the shop.
pub(crate) type CardKey = ((std::time::SystemTime, u64), String);

/// How many pages may listen at once: each holds a connection, and others must find room beside them.
pub const MOST_LISTENERS: usize = 64;

/// Something that changed, for the pages that look at it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Event {
    /// The job.
    pub job: String,
    /// The revision of its document that is now in force; ticks leave it as it is.
    pub revision: u64,
    /// Which page made the change, so that it can ignore its own echo.
    pub client: String,
}

/// A job after something was written.
pub(crate) struct Done {
    pub(crate) opened: Arc<Opened>,
    /// What the system could not promise of the write.
    doubt: Option<String>,
}

impl Done {
    /// What was done, and what the system could not promise of it.
    pub(crate) fn said(&self, what: &str) -> String {
        match &self.doubt {
            Some(doubt) => format!("{what}; {doubt}"),
            None => what.to_owned(),
        }
    }
}

/// Why an edit cannot be written, for whoever typed it: the field is before their eyes.
fn refused_words(error: &EditError) -> String {
    match error {
        EditError::Unsuitable { value, why, .. } if value.is_empty() => why.clone(),
        EditError::Unsuitable { value, why, .. } => format!("“{value}”: {why}"),
        other => other.to_string(),
    }
}

/// A shop folder, opened for serving.
pub struct Bench {
    pub(crate) store: Store,
    pub(crate) papers: Arc<dyn Papers>,
    pub(crate) access: Access,
    /// Where a token is wanted.
    pub(crate) door: Option<Door>,
    pub(crate) pace: Mutex<Pace>,
    /// The pace of those without the token: it is not the owner's.
    pub(crate) strangers: Mutex<Pace>,
    opened: Mutex<BTreeMap<String, (String, Arc<Opened>)>>,
    printed: Mutex<BTreeMap<(String, String), Arc<crate::papers::Printed>>>,
    /// The frozen revision that was last looked at of each job as it reads today, under its letter and the state of the catalogue.
    frozen: Mutex<BTreeMap<String, (String, Arc<Read>)>>,
    /// The last trial of each job, under its text.
    tried: Mutex<BTreeMap<String, (String, Arc<Read>)>>,
    /// The last comparison of each job, under what was compared.
    compared: Mutex<BTreeMap<String, (String, Arc<Compared>)>>,
    /// Cards of the shop, each under the state of the file that it was drawn from.
    cards: Mutex<BTreeMap<String, (CardKey, JobCard)>>,
    /// Recordings that were read, by the hash of their file.
    heard: Mutex<BTreeMap<String, Result<Arc<takes::Heard>, String>>>,
    /// What the recordings of each job say, under what they and the prediction rest on.
    taken: Mutex<BTreeMap<String, (String, Arc<Takes>)>>,
    events: broadcast::Sender<Event>,
    /// Pictures that somebody measures by.
    pub(crate) photos: Mutex<crate::photos::Photos>,
    /// Room for pages that listen.
    pub(crate) listeners: Arc<Semaphore>,
}

impl std::fmt::Debug for Bench {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Bench").field("folder", &self.store.folder()).finish_non_exhaustive()
    }
}

fn lock<T>(mutex: &Mutex<T>) -> MutexGuard<'_, T> {
    // What these locks guard is whole after every statement.
    mutex.lock().unwrap_or_else(PoisonError::into_inner)
}

impl Bench {
    /// Opens a shop folder.
    pub fn open(folder: &Path, papers: Arc<dyn Papers>, access: Access) -> Result<Arc<Self>, StoreError> {
        let (events, _) = broadcast::channel(64);
        let store = Store::open(folder)?;
        let door = access.token.as_deref().map(Door::new);
        Ok(Arc::new(Self {
            store,
            papers,
            access,
            door,
            pace: Mutex::new(Pace::new()),
            strangers: Mutex::new(Pace::new()),
            opened: Mutex::default(),
            printed: Mutex::default(),
            frozen: Mutex::default(),
            tried: Mutex::default(),
            compared: Mutex::default(),
            cards: Mutex::default(),
            heard: Mutex::default(),
            taken: Mutex::default(),
            events,
            photos: Mutex::default(),
            listeners: Arc::new(Semaphore::new(MOST_LISTENERS)),
        }))
    }

    /// What the person should know of how the shop was opened.
    pub fn told(&self) -> Option<&str> {
        self.store.told()
    }

    /// A path that lets one visitor in without the token, once, within a quarter of an hour. `None` where no token is wanted.
    pub fn link(&self, may: May) -> Option<String> {
        self.door.as_ref()?.link(crate::access::now(), may)
    }

    /// Whether a phone can come in.
    pub(crate) fn is_for_phones(&self) -> bool {
        self.door.is_some() && !self.access.phones.is_empty()
    }

    /// The job as it stands on disk, derived once for each text.
    pub(crate) fn look(&self, job: &str) -> Result<Arc<Opened>, StoreError> {
        store::check_job_name(job)?;
        let state = self.store.state(job)?;
        Ok(self.derive(job, state))
    }

    /// The card of a job that was drawn from this state of its file.
    pub(crate) fn card(&self, job: &str, key: &CardKey) -> Option<JobCard> {
        lock(&self.cards).get(job).filter(|(known, _)| known == key).map(|(_, card)| card.clone())
    }

    /// Keeps a card for as long as the file stands.
    pub(crate) fn keep_card(&self, job: &str, key: CardKey, card: &JobCard) {
        lock(&self.cards).insert(job.to_owned(), (key, card.clone()));
    }

    /// What tells one saved document from another without reading it; nothing where it is not there.
    pub(crate) fn stamp(&self, job: &str) -> Option<(std::time::SystemTime, u64)> {
        let found = std::fs::metadata(self.store.document(job).ok()?).ok()?;
        Some((found.modified().ok()?, found.len()))
    }

    fn derive(&self, job: &str, state: DocumentState) -> Arc<Opened> {
        let key = format!("{}.{}.{}", state.hash, state.version, self.store.overlay_stamp());
        if let Some((known, opened)) = lock(&self.opened).get(job)
            && *known == key
        {
            return Arc::clone(opened);
        }
        let read = self.read(job, &state.text);
        let opened = Arc::new(Opened { name: job.to_owned(), state, read });
        lock(&self.opened).insert(job.to_owned(), (key, Arc::clone(&opened)));
        opened
    }

    pub(crate) fn read(&self, name: &str, text: &str) -> Result<Read, Trouble> {
        match document::read_in_shop(&format!("{name}/rig.toml"), text, self.store.folder()) {
            Ok(job) => Ok(Read::of(job, document::prices_in(self.store.folder()).ok().flatten())),
            Err(document::ReadError::Problems { problems, files }) => {
                let said = problems.first().map(|p| p.message.clone()).unwrap_or_default();
                Err(Trouble { problems, files, said })
            }
            Err(other) => {
                Err(Trouble { problems: Vec::new(), files: Files::default(), said: other.to_string() })
            }
        }
    }

    /// The last revision of a job that was frozen: its letter and what it reads as today. `None` where there is none, or
    /// where it cannot be read any more.
    pub(crate) fn last_frozen(&self, job: &str) -> Option<(String, Arc<Read>)> {
        let letter = self.store.revisions(job).ok()?.pop()?.letter;
        let read = self.frozen(job, &letter)?;
        Some((letter, read))
    }

    /// A frozen revision as it reads today. `None` where there is none of this letter, or where it cannot be read any more.
    pub(crate) fn frozen(&self, job: &str, letter: &str) -> Option<Arc<Read>> {
        let key = format!("{letter}.{}", self.store.overlay_stamp());
        if let Some((known, read)) = lock(&self.frozen).get(job)
            && *known == key
        {
            return Some(Arc::clone(read));
        }
        let frozen = self.store.revision(job, letter).ok()?;
        let read = Arc::new(self.read(job, &frozen.text).ok()?);
        lock(&self.frozen).insert(job.to_owned(), (key, Arc::clone(&read)));
        Some(read)
    }

    /// A document that nobody has saved: what a trial would leave.
    pub(crate) fn tried(&self, job: &str, text: &str) -> Result<Arc<Read>, String> {
        let key = format!("{}.{}", crate::hash::hash_of(std::iter::once(text)), self.store.overlay_stamp());
        if let Some((known, read)) = lock(&self.tried).get(job)
            && *known == key
        {
            return Ok(Arc::clone(read));
        }
        let read = Arc::new(self.read(job, text).map_err(|trouble| trouble.said)?);
        lock(&self.tried).insert(job.to_owned(), (key, Arc::clone(&read)));
        Ok(read)
    }

    /// What a page asks for, compared once for each pair of documents.
    pub(crate) fn compared(
        &self,
        job: &str,
        key: String,
        compare: impl FnOnce() -> Result<Compared, String>,
    ) -> Result<Arc<Compared>, String> {
        if let Some((known, found)) = lock(&self.compared).get(job)
            && *known == key
        {
            return Ok(Arc::clone(found));
        }
        let found = Arc::new(compare()?);
        lock(&self.compared).insert(job.to_owned(), (key, Arc::clone(&found)));
        Ok(found)
    }

    /// Makes one named edit. An edit that would leave the document unreadable is refused.
    pub(crate) fn edit(&self, job: &str, base: u64, client: &str, edit: &Edit) -> Result<Done, StoreError> {
        store::check_job_name(job)?;
        let mut fresh = None;
        let mut is_first = true;
        let written = self.store.edit_anew(job, base, &edit.name, |text| {
            let is_again = !std::mem::take(&mut is_first);
            let after = document::edit::apply(text, edit).map_err(|error| refused_words(&error))?;
            match self.read(job, &after) {
                Ok(read) => {
                    fresh = Some(read);
                    Ok(after)
                }
                // What another program saved in this instant may be half of what it saves; it is not added to.
                Err(trouble) if is_again => Err(format!(
                    "another program saved the document meanwhile, and the edit does not fit it: {}",
                    trouble.said
                )),
                // A document that could not be read before may be mended step by step.
                Err(_) if self.read(job, text).is_err() => Ok(after),
                Err(trouble) => Err(trouble.said),
            }
        })?;
        Ok(self.settle(job, client, written, fresh))
    }

    /// Takes the last edit back or makes it again.
    pub(crate) fn step(
        &self,
        job: &str,
        base: Option<u64>,
        client: &str,
        step: store::HistoryStep,
    ) -> Result<Done, StoreError> {
        store::check_job_name(job)?;
        let along = crate::stock::along(&self.store, job, step)?;
        let written = self.store.step(job, base, step)?;
        if let Some(way) = along
            && let Err(error) = self.store.step(store::STOCK, None, way)
        {
            // The document does not go alone.
            self.store.step(job, None, step.other())?;
            return Err(error);
        }
        Ok(self.settle(job, client, written, None))
    }

    pub(crate) fn settle(&self, job: &str, client: &str, written: Written, fresh: Option<Read>) -> Done {
        let state = written.state;
        let key = format!("{}.{}.{}", state.hash, state.version, self.store.overlay_stamp());
        let read = fresh.map_or_else(|| self.read(job, &state.text), Ok);
        let opened = Arc::new(Opened { name: job.to_owned(), state, read });
        lock(&self.opened).insert(job.to_owned(), (key, Arc::clone(&opened)));
        self.tell(job, opened.state.version, client);
        Done { opened, doubt: written.doubt }
    }

    /// Sets or takes away a tick of the work order.
    pub(crate) fn tick(&self, job: &str, client: &str, step: &str, done: bool) -> Result<(), StoreError> {
        store::check_job_name(job)?;
        self.store.tick(job, step, done, None)?;
        let revision = self.look(job)?.state.version;
        self.tell(job, revision, client);
        Ok(())
    }

    pub(crate) fn tell(&self, job: &str, revision: u64, client: &str) {
        // Nobody may be listening.
        let _ = self.events.send(Event { job: job.to_owned(), revision, client: client.to_owned() });
    }

    pub(crate) fn listen(&self) -> broadcast::Receiver<Event> {
        self.events.subscribe()
    }

    /// What the recordings of a job say; those that cannot be listed are shown as none.
    pub(crate) fn takes(&self, job: &str, read: &Read) -> Arc<Takes> {
        let recordings = self.store.recordings(job).unwrap_or_default();
        let of = |one: &store::Recording| format!("{} {} {:?};", one.name, one.sum, one.state);
        let key = recordings.iter().map(of).collect::<String>() + &read.inputs;
        if let Some((known, takes)) = lock(&self.taken).get(job)
            && *known == key
        {
            return Arc::clone(takes);
        }
        let all: Vec<crate::recordings::Read> =
            recordings.into_iter().map(|of| self.heard(job, of)).collect();
        let takes = Arc::new(Takes::new(read.laid(), &all));
        lock(&self.taken).insert(job.to_owned(), (key, Arc::clone(&takes)));
        takes
    }

    /// A recording, read once.
    fn heard(&self, job: &str, of: store::Recording) -> crate::recordings::Read {
        if let Some(heard) = lock(&self.heard).get(&of.sum) {
            return crate::recordings::Read { heard: heard.clone(), of };
        }
        let read = crate::recordings::read(&self.store, job, of);
        let mut heard = lock(&self.heard);
        // Each holds its responses, not its sound.
        if 24 < heard.len() {
            heard.clear();
        }
        heard.insert(read.of.sum.clone(), read.heard.clone());
        read
    }

    /// A paper of a job, made once for each state of its inputs.
    pub(crate) fn print(
        &self,
        job: &str,
        name: &str,
        read: &Read,
    ) -> Result<Arc<crate::papers::Printed>, String> {
        let revisions = self.store.revisions(job).unwrap_or_default();
        let stamp = crate::stock::stamp(self.store.folder());
        let readings = self.store.readings(job).map_or(0, |all| all.len());
        let takes = self.takes(job, read);
        // A repair is never changed, only taken back; what other jobs mended moves the fault card of this one.
        let repairs: Vec<i64> =
            self.store.repairs(job).unwrap_or_default().iter().map(|repair| repair.id).collect();
        let mended = self.store.mended().unwrap_or_default();
        let readings = format!("{readings} {repairs:?} {mended:?} {}", Arc::as_ptr(&takes).addr());
        let key = (format!("{name} {} {readings} {stamp}", revisions.len()), read.inputs.clone());
        if let Some(printed) = lock(&self.printed).get(&key) {
            return Ok(Arc::clone(printed));
        }
        let shelf = crate::stock::shelf_of(self.store.folder(), job).map_err(|error| error.to_string())?;
        let record =
            crate::tested::record(&self.store, job, read.laid()).map_err(|error| error.to_string())?;
        let plots = crate::recordings::drawn(&takes);
        let made = Arc::new(self.papers.make(
            name,
            &read.printed_from(&revisions, (&record, &plots), &shelf, (self.store.folder(), job)),
        )?);
        let mut printed = lock(&self.printed);
        // A handful of papers of today's revisions; older ones are made again when somebody asks.
        if 64 < printed.len() {
            printed.clear();
        }
        printed.insert(key, Arc::clone(&made));
        Ok(made)
    }
}
