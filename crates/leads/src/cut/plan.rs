//! stub
use super::pack;
