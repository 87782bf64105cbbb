import { useState } from 'preact/hooks';
import { api } from './api';
import { KindForm } from './form';
import { realPhotographs, useMarks } from './marks';
import { Photo } from './photo';
import { complain, go, hrefOf, loadRecord, loadSheet, nameOf, say, sheetThings, textOf, useBench, useDraft } from './state';
import { Act, Card, Choice, Field, Fold, Nothing, signer } from './ui';

export function FilePick(props: {
  label: string;
  accept?: string;
  several?: boolean;
  onFiles: (files: File[]) => void;
  busy?: boolean;
}) {
  const [over, setOver] = useState(false);
  return (
    <label
      class={`drop${over ? ' over' : ''}`}
      onDragOver={(e) => (e.preventDefault(), setOver(true))}
      onDragLeave={() => setOver(false)}
      onDrop={(e) => {
        e.preventDefault();
        setOver(false);
        props.onFiles([...(e.dataTransfer?.files ?? [])]);
      }}
    >
      <span class="drop-words">{props.busy ? 'Being brought in …' : props.label}</span>
      <span class="quietly">Drop it here, or tap to choose</span>
      <input
        type="file"
        accept={props.accept}
        multiple={props.several}
        disabled={props.busy}
        onChange={(e) => {
          const files = [...(e.currentTarget.files ?? [])];
          e.currentTarget.value = '';
          if (files.length) props.onFiles(files);
        }}
      />
    </label>
  );
}

function NewPhotograph({ sheet }: { sheet: string }) {
  const [said, setSaid, clear] = useDraft(`photograph.${sheet}`, { stage: 'before', note: '' });
  const [busy, setBusy] = useState(false);
  const bring = async ([file]: File[]) => {
    const by = signer();
    if (!file || !by) return;
    setBusy(true);
    try {
      const kept = await api.putPhotograph(file, { name: file.name, sheet, stage: said.stage, note: said.note, by });
      clear();
      await Promise.all([loadRecord(), loadSheet(sheet)]);
      say(`Kept: photograph ${file.name}, ${kept.width} × ${kept.height} pixels`);
    } catch (error) {
      complain(error);
    } finally {
      setBusy(false);
    }
  };
  return (
    <>
      <div class="fields">
        <Choice
          label="Taken"
          value={said.stage}
          options={['before', 'during', 'after']}
          onChange={(stage) => setSaid((old) => ({ ...old, stage }))}
        />
        <Field label="Note" value={said.note} onInput={(note) => setSaid((old) => ({ ...old, note }))} />
      </div>
      <FilePick label="Bring a photograph" accept="image/*,.tif,.tiff" onFiles={bring} busy={busy} />
      <p class="help">
        To be measured, it must carry its colour profile. One that only says that it is sRGB is shown, and not measured.
        The file is copied beside the record as it is.
      </p>
    </>
  );
}

/// The sheet itself: its photograph with everything marked on it.
export function SheetView({ sheet }: { sheet: string }) {
  useBench();
  const [editing, setEditing] = useState(false);
  const photographs = realPhotographs(sheet);
  const [shown, setShown] = useState(0);
  const id = shown || photographs[0]?.id || 0;
  const marks = useMarks(sheet, id);
  const thing = sheetThings(sheet, 'sheet')[0];
  const spots = sheetThings(sheet, 'spot');
  const losses = sheetThings(sheet, 'loss');
  const facts = ['object_id', 'description', 'support', 'media'].map((c) => thing && textOf(thing, c)).filter(Boolean);
  const weight = thing && textOf(thing, 'grammage_g_m2');
  return (
    <>
      <p class="lead">
        {facts.join('; ') || 'Nothing is said of this sheet yet.'}
        {weight && `; ${weight} g/m²`}
      </p>
      {photographs.length > 0 && (
        <Card class="flush">
          {photographs.length > 1 && (
            <div class="acts">
              {photographs.map((photograph) => (
                <button
                  type="button"
                  class="act quiet"
                  aria-pressed={photograph.id === id}
                  onClick={() => setShown(photograph.id)}
                >
                  {nameOf(photograph)} {textOf(photograph, 'stage') && `(${textOf(photograph, 'stage')})`}
                </button>
              ))}
            </div>
          )}
          <Photo id={id} marks={marks} label={`Photograph of ${sheet} with its spots, losses and tears`} />
        </Card>
      )}
      <div class="two">
        <Card title="Spots">
          {spots.length ? (
            <ul class="plain">
              {spots.map((spot) => (
                <li>
                  <a class="line" href={hrefOf({ sheet, view: 'spot', part: nameOf(spot) })}>
                    <strong>{nameOf(spot)}</strong> {textOf(spot, 'place')}
                  </a>
                </li>
              ))}
            </ul>
          ) : (
            <Nothing>No spot yet.</Nothing>
          )}
          <a class="act quiet" href={hrefOf({ sheet, view: 'spot' })}>
            To the spots
          </a>
        </Card>
        <Card title="Losses and tears">
          {losses.length ? (
            <ul class="plain">
              {losses.map((loss) => (
                <li>
                  <a class="line" href={hrefOf({ sheet, view: 'loss', part: nameOf(loss) })}>
                    <strong>{nameOf(loss)}</strong> {textOf(loss, 'nature')}
                    {textOf(loss, 'area_cm2') && `, ${textOf(loss, 'area_cm2')} cm²`}
                  </a>
                </li>
              ))}
            </ul>
          ) : (
            <Nothing>No loss or tear yet.</Nothing>
          )}
          <a class="act quiet" href={hrefOf({ sheet, view: 'loss' })}>
            To the losses
          </a>
        </Card>
      </div>
      <Card title={photographs.length ? 'Another photograph' : 'Its photograph'}>
        <NewPhotograph sheet={sheet} />
      </Card>
      {thing && (
        <Fold title="Correct what is said of this sheet" open={editing}>
          <KindForm
            kind="sheet"
            first={['name', 'object_id', 'description', 'support', 'media', 'grammage_g_m2']}
            button="Keep the correction"
            draft={`correct.sheet.${thing.id}`}
            thing={thing}
            sheet={sheet}
            onKept={(name) => {
              setEditing(false);
              if (name && name !== sheet) go({ sheet: name, view: 'sheet' });
            }}
          />
        </Fold>
      )}
      <p>
        <Act quiet onAct={() => loadSheet(sheet)}>
          Look in the record again
        </Act>
      </p>
    </>
  );
}
