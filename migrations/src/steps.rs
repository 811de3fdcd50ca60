//! A step: a name and a script.

use crate::dialect::statements;
use sea_orm_migration::prelude::*;
use sea_orm_migration::sea_orm::ConnectionTrait;

/// One numbered step. Its script creates only what is not there yet.
pub(crate) struct Step {
    pub(crate) name: &'static str,
    pub(crate) script: &'static str,
}

impl MigrationName for Step {
    fn name(&self) -> &str {
        self.name
    }
}

#[async_trait::async_trait]
impl MigrationTrait for Step {
    async fn up(&self, manager: &SchemaManager) -> Result<(), DbErr> {
        let connection = manager.get_connection();
        for statement in statements(self.script, manager.get_database_backend()) {
            connection.execute_unprepared(&statement).await?;
        }
        Ok(())
    }

    async fn down(&self, _: &SchemaManager) -> Result<(), DbErr> {
        Err(DbErr::Migration(format!("{}: there is no way back; restore a backup", self.name)))
    }
}
