import { KindForm } from './form';
import { go, hrefOf, labThings, nameOf, textOf, useBench } from './state';
import { Card, Nothing, whenWords } from './ui';

/// The sheets of the record, as slips in a box.
export function Start() {
  const { record } = useBench();
  const sheets = labThings('sheet');
  const count = (kind: string) => record?.counts.find((one) => one.kind === kind)?.count ?? 0;
  return (
    <>
      <Card title="Sheets in the record">
        {sheets.length ? (
          <ul class="slips">
            {sheets.map((sheet) => (
              <li>
                <a class="slip" href={hrefOf({ sheet: nameOf(sheet), view: 'sheet' })}>
                  <span class="slip-name">{nameOf(sheet)}</span>
                  {textOf(sheet, 'object_id') && <span>{textOf(sheet, 'object_id')}</span>}
                  {textOf(sheet, 'description') && <span class="slip-words">{textOf(sheet, 'description')}</span>}
                  <span class="quietly">
                    {sheet.entry.who}, {whenWords(sheet.entry.when)}
                  </span>
                </a>
              </li>
            ))}
          </ul>
        ) : (
          <Nothing>No sheet yet. Lay the first one on the bench below.</Nothing>
        )}
        <p class="quietly">
          In the record {record?.record.replace(/^.*[/\\]/, '')}: {count('reading')} readings, {count('tissue')} tissues,{' '}
          {count('photograph')} photographs, {count('computation')} computed results.
        </p>
      </Card>
      <Card title="A new sheet">
        <KindForm
          kind="sheet"
          first={['name', 'object_id', 'description', 'grammage_g_m2']}
          button="Lay it on the bench"
          draft="new.sheet"
          onKept={(name) => go({ sheet: name, view: 'sheet' })}
        />
      </Card>
    </>
  );
}
